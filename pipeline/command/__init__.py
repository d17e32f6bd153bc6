"""The command line: `earwitness draft`, `score` and `demo`.

Exit codes: 0 done; 1 a defect of ours; 2 the command was not understood; 3 an input cannot be used.
"""

from earwitness.pipeline.command.app import app, main

__all__ = ["app", "main"]
