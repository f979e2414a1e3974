"""daybefore: from a booking to a plan that a patient can follow on a phone, offline.

Reading order, which is also the way of the data:

1. `desk`       what may be done with a booking, in plain calls: `making` is the main path, `moving` its changes
2. `intake`     a booking list -> what each row means
3. `materials`  a unit's folder -> Unit, Protocol, Food; the shipped words, templates, scripts
4. `clinic`     the nouns: what a unit states and what a booking is
5. `plan`       Booking + Protocol + Unit -> Timetable: when to do what, and why
6. `words`      one language: messages, times, numbers
7. `page`       Timetable + Wording -> Booklet: every file of one appointment, as bytes
8. `records`    which booking has which token, version and code (the only database)
9. `shelves`    where booklets are put and replaced
10. `batch`     many bookings at once
11. `staff`     a timetable, its reasons and changes in words for staff
12. `cli`, `console`  what people touch

Everything in `clinic`, `plan`, `words` and `page` is pure: no files, no network, no clock, no randomness.
"""

import zoneinfo

# The system's zone data may be years old (a server) or newer than ours (a phone). One source, pinned in
# pyproject.toml, decides; the pages carry instants and printed times, so no other source is ever asked.
zoneinfo.reset_tzpath(to=[])

__version__ = "0.1.0"
