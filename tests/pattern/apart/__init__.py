"""A count of rows that shares nothing with the engine, and a writer of rows in print's spellings.

A row is made up as a tree (`rows`), worked by hands that know only loops on a needle (`hands`),
and written down with the freedom that print takes (`spelling`). What the engine accepts must be
what the hands have. `python -m tests.pattern.apart 50000` goes through so many.
"""
