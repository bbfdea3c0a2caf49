"""The hearing bench: accuracy of the real ear on synthetic cooks in modelled kitchens. See `scripts/bench_hearing`."""
