"""The log of a shelf: what keepers jot, kept on disk, and how it becomes a case again."""
