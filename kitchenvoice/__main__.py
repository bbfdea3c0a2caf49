"""Let `python -m kitchenvoice` do what `kitchenvoice` does."""

from kitchenvoice.cli import main

main()
