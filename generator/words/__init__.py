"""One language: its messages, how it writes times, and whether it may be shown. Knows no booking."""
