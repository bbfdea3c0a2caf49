"""Tests of the board."""
