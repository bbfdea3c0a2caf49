"""The speaking bench: how well our own voice is understood, and whether it can be stopped."""
