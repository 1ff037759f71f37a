"""A scene while it is being made: its text, the changes that may be made to it, and every state that it was ever in.

The text of the scene file is the draft itself: each change makes another text, comments kept, which is read as the
commands read it before it counts. So what is on the table can always be written into a file as it lies, undo gives
back the very bytes, and nothing can be laid on the table that a command would refuse.

``text`` holds such a text and its scene, ``keys`` sets keys in it, ``chart`` puts other rows into it, ``motifs`` works
on parts of a chart, ``changes`` answers each message that changes something, ``journal`` keeps all states in a file
that outlives the process, ``history`` walks among them.
"""
