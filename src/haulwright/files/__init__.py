"""The user's files: YAML and CSV into checked records, with the line of every mistake."""
