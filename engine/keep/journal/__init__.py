"""How a make is kept on disk so that no one fault can lose it. `engine.keep.store` is the door.

Three places hold every action, and any one of them is enough:

* the main file, SQLite (`schema`), in which an action is one transaction;
* a copy per make (`copy`), plain lines that are written and forced to the disk inside that same
  transaction, so that whatever was shown is in both;
* dated backups of the main file (`backups`).

Every line carries a digest of itself and all before it (`chain`), so that damage is seen and
what comes before it can be trusted. `rescue` puts the longest sound chain of every make together
again; `opening` does so where it must, and `agreement` lets main file and copies say the same.
`owner` says who may write.
"""
