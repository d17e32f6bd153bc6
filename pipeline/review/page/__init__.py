"""The desk as the browser gets it: pages, styles and ES modules. Data that `web` serves; nothing here is built or fetched."""
