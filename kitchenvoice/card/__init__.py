"""The kitchen card: what can be said in each stage, on screen and on paper."""
