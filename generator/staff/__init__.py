"""What staff read, in English: steps, amounts, reasons and changes of a timetable, on a terminal or on a page."""
