"""The pattern sheet on paper: what it says (`document`), and how it is set (`page`)."""
