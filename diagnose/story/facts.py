"""The names of told facts that the vocabulary has no word for. All others are its names."""

from __future__ import annotations

Told = str | float | bool
#: Of the deaths.
DEAD_COUNT, DEAD_OF, FIRST_DEATH, SPAN_H = "deaths.dead", "deaths.of", "deaths.first", "deaths.over"
#: The moment of an event, as told; the kind of event follows.
EVENT_AT = "at:"
#: A detail of an event (`of:water-change.share`), an animal beside the shrimp (`other:snail`, and
#: `other:snail.count`), a measurement (`reading:ph`, `reading:ph@tap`), a kind of shrimp.
PART_OF, OTHER, READING, SPECIES_IS = "of:", "other:", "reading:", "stock.species:"
#: Fields of these parts of the form are named by their place: `container.volume`.
PLACES = ("deaths.", "container.", "stock.")
