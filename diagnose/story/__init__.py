"""A keeper's own words, read by the rules of `knowledge/story_grammar.yaml` and
`knowledge/story_lexicon.yaml` into the facts that a case file holds.
"""
