"""Template, style and script of the page: data that `page.py` reads."""
