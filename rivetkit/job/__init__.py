"""The job: what is taken apart and what goes back, read from a TOML file."""
