"""The hearing bench: what the real ear makes of synthetic cooks in modelled kitchens. See `scripts/bench_hearing`."""
