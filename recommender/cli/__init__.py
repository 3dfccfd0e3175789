"""The command line: ``kitplan``."""

from recommender.cli.commands import main

__all__ = ["main"]
