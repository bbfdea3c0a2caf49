"""Compare the tables on board with the text of the published guide."""
