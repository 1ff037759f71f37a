"""Everything else than the table itself: the commands, run as they are, on the piece as it lies.

``menu`` says which commands a page may ask for, and with which options: none that names a file. ``alone`` makes a
copy of the scene that needs no file beside it. ``work`` runs the command line on it in a process and a folder of its
own, and takes whatever it leaves there.
"""
