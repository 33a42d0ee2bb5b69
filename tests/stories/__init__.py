"""Stories as keepers write them, each with the facts it tells, and how much of them is read."""
