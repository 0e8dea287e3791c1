"""The work: each question as one verb, done in a process beside the one that listens."""
