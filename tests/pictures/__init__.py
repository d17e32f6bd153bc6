"""Pictures of every screen, for people to look at: light and dark, wide and narrow."""
