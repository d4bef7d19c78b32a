"""From the log to what is published: description, chapters, captions, checklist, answers and follow-ups."""
