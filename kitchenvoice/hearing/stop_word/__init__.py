"""The stop words, heard while the program itself speaks."""
