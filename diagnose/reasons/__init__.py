"""The third use: the reasons behind losses, one page a cause, with sums for one's own container.

`setting` says whose container; the `sums_of_*` work numbers through with `diagnose.water`; `page`
puts a page together; `overview`, `search` and `apart` lead to it; `text` and `handbook` write it.
"""
