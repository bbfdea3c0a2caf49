"""The program as it runs: session, ear and mouth in their threads, boards, self-test."""
