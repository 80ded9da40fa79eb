"""The web side: an application for one shop on its own machine."""

from resale.web.app import create_app

__all__ = ["create_app"]
