"""The desk as the browser gets it: pages, styles and ES modules that `web` serves; nothing is built or fetched."""
