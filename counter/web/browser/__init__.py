"""The page that a browser opens: a terminal, and nothing from anywhere else."""
