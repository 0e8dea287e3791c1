"""The channels of a run as logged, as corrected, and as averaged: for those who want to see every reading."""
