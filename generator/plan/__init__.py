"""When to do what, and why: Booking + Protocol + Unit -> Timetable. Knows no language."""
