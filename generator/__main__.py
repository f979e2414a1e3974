"""Runs the command line: `python -m generator`."""

from generator.cli import main

main()
