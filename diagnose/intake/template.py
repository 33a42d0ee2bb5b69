"""The form that `bowlside case new` prints: every part of a case, commented, to fill in."""

from __future__ import annotations

_FORM = """\
# A case: one container, its animals, what was done and what was seen.
# Take away the `#` before a line that you can fill in, and leave the others.
# Nothing here is required but the name. What you do not know, leave out:
# unknown is a good answer, a guess is not.

case: my-jar                    # a short name for this container
# title: The jar by the window
# story: |
#   Tell it in your own words. People read this, the program does not.
# asked_at: 2026-03-14 21:30    # `2 days ago` counts from here; else: now
# units: metric                 # or us: bare numbers in gallons, F, inches

# container:
#   kind: jar                   # bowl, jar, vase, tank, other
#   volume: 6 L                 # water only; 1.5 gal is fine too
#   water_depth: 18 cm
#   opening_diameter: 14 cm
#   age: 3 months               # since water and plants went in
#   filter: none                # none, running, stopped
#   heater: none                # none, working, faulty
#   planting: moderate          # none, sparse, moderate, dense
#   floating_cover: part        # none, part, full
#   substrate: inert            # none, inert, soil, limestone
#   light: 8 h                  # lamp or daylight, a day
#   sun: short                  # none, short (under an hour), long
#   window: east                # north, east, south, west
#   placement: shelf in the throwing room
#   lid: open                   # open, low_water, covered, sealed
#   co2: none                   # none, on
#   water_source: tap           # tap, well, rain, mineral_free, remineralised,
#                               # bottled, softened
#   conditioner: always         # always, missed, never, not_needed
#   topup: tap                  # tap, mineral_free, nothing
#   room_temperature: 21 C
#   change:                     # your habit
#     share: 50 %
#     every: 7 days

# stock:                        # before the first death
#   species: hardy dwarf        # or the name you bought them under, or a
#                               # list of the kinds that live together
#   adults: 8                   # males and females together
#   juveniles: 5
#   berried: 1                  # females with eggs, among the adults
#   kept: 4 months
#   others:
#     - {kind: snails, count: 3, state: fine}
#     - {kind: guppy, size: 3 cm, put_in: 5 days ago, gone: no}
#   feeding:
#     per_feed: two small pellets
#     times: 3 a week           # or 5 a day, every 2 days
#     eaten_within: 3 h

# nobody died: no              # if yes, leave out the block `deaths`
# deaths:
#   first: 2 days ago           # or a date, or yesterday evening
#   last: today
#   dead: 3
#   of: 13                      # all there were, dead and living

# seen: [listless, cloudy_water]       # found; your own words do
# not_seen: [foul_smell]               # looked for and not there

# events:                       # the last weeks, as far as you know
#   - {what: water-change, at: 3 days ago, share: 50 %, conditioner: full}
#   - {what: new-plants, at: 36 h before the first death}
#   - {what: spray, at: yesterday, note: "hair spray, in the kitchen"}
#                               # text with a comma or a colon goes in quotes
# not_done: [spray, medicine]   # asked about, and surely not done

# readings:
#   - {what: temperature, value: 24 C, at: yesterday evening}
#   - {what: ph, value: 7.4}
#   - {what: ammonia, value: 0.25 mg/L}    # as most kits count: total, as NH3;
#                                          # else add as: total-N or un-ionised
#   - {what: nitrite, value: 0.1 mg/L}     # as the ion; else add as: N
#   - {what: gh, value: 8}                 # degrees; write 140 ppm for ppm
#   - {what: chlorine, value: 0.5 mg/L, where: tap}

# told:                         # any question the program asks, answered here
#   death_shape: trickle
#   other_containers: fine

# log: my-jar.csv               # a table beside this file, oldest row first;
#                               # columns: at, what, value, unit, share, note
"""


def new_case_text() -> str:
    """An empty case file with a comment to every part. Only the name is filled in."""
    return _FORM
