"""From what a keeper wrote - a case file and the log beside it - to a Case, or to clear errors."""
