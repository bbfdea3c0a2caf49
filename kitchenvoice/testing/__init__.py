"""Public fakes of the ports, for tests, rehearsals and users."""
