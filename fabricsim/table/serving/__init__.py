"""The server: on this machine alone, for whoever holds the secret of the address.

``guard`` refuses what does not come from the page itself, ``site`` answers with the page's files, ``tab`` is one page
that is open, ``desk`` the piece that all of them look at, ``running`` the process from start to end.
"""
