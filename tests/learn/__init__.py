"""Scripts that learn the package's data files from published data; run by hand, never by a test."""
