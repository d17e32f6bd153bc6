"""The desk as a local web application: a Desk and settings come in, an application that speaks HTTP goes out.

Refuses writes without the session's key, and what the models do not know. Nothing is asked of other hosts.
"""

from earwitness.pipeline.review.web.app import make_app
from earwitness.pipeline.review.web.settings import Settings

__all__ = ["Settings", "make_app"]
