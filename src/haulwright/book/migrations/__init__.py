"""The steps from one schema of the book to the next, oldest first; run by :mod:`haulwright.book.migrating`.

A step only makes tables and fills them from what is there: it never drops, empties or rewrites one.
"""
