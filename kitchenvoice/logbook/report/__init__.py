"""The record as lines, tables, charts, labels and pages."""
