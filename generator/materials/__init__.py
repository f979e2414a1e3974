"""Reads what people wrote: a unit's folder, and the words, templates and scripts that come with the program."""
