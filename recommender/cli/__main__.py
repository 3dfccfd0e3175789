"""``python -m recommender.cli`` does what ``kitplan`` does."""

from recommender.cli.commands import main

main()
