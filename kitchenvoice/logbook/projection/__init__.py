"""What the events amount to, kept as rows beside them."""
