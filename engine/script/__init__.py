"""A row script: put together (`builder`), proven loop by loop (`audit`), put into words.

`fabric` is what the hands have made so far. `wording` and `headline` are the only places where a
step becomes a sentence or a big line.
"""
