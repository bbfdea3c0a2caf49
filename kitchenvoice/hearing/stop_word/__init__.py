"""Barge-in: the stop words, recognised while the program itself speaks."""
