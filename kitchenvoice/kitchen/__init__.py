"""What is known of one kitchen: its profile, the file it lies in, and the practice kitchen."""
