"""Timetable + Wording -> Booklet: every file of one appointment, as bytes. No files, no clock, no network."""
