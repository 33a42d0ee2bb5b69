"""The commands, one file each: parse, call a use-case, render."""
