"""The command line: `earwitness`. A command is in a module of its own, and in the list of `app.COMMANDS`.

Exit codes: 0 done; 1 a defect of ours; 2 the command was not understood; 3 an input cannot be used.
"""

from earwitness.pipeline.command.app import app, main

__all__ = ["app", "main"]
