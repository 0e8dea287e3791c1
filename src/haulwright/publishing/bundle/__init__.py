"""The open data of a campaign: what a stranger needs to use its numbers, and to reckon every one of them again."""
