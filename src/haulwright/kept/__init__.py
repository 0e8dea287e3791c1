"""What is done with a book: documents read, changed, brought in and written out; campaigns, kits and pulls it holds."""
