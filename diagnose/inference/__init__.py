"""experta's matching: observations and conditions in, evidence with a full trace out."""
