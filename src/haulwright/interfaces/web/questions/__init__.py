"""The questions: the bodies of requests, every key told, none unread."""
