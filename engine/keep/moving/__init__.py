"""Journals of the first release get the scripts that they were worked by.

The first release kept no script: whatever release opened a journal worked it out anew. What was
on the maker's screen only that release can tell, so its own code is asked (`first`, an archive of
the modules that worked a journal out, as they were). `move` puts what it says into the journal,
once; from then on no design is asked when a journal is read.
"""
