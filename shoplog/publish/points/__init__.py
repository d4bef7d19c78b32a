"""The points of the checklist, a module for each matter; `checklist` puts them in order."""
