"""Entry point of `python -m kitchenvoice`, the same as `kitchenvoice`."""

from kitchenvoice.cli import main

main()
