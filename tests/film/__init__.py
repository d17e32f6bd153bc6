"""The demonstration dive's film, drawn and spoken by a program: see `__main__`."""
