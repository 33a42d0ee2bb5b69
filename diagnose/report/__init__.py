"""The answer as a keeper reads it: terminal, Markdown, JSON, HTML. Knows nothing of experta."""
