"""The revisions, oldest first. What they say is never edited once released."""
