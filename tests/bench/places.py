"""Where the data lies."""

from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
FIXTURES = HERE / "fixtures"
SHARED = HERE.parent / "shared"
DATA = HERE / "taxonomy" / "data"
