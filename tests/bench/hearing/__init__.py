"""How well the ears hear: `python -m tests.bench.hearing`."""
