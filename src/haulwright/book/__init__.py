"""The book: the database that keeps kit, cells, campaigns, devices and pulls, every file of them byte for byte."""
