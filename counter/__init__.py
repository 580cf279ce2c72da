"""What meets the maker: screens, command line, browser, sound and paper.

The ways in (`tui`, `cli`, `web`) do not know each other; what they share is in `shared`. Door:
`commandline.main`.
"""
