"""The commands, a folder each: ``command.py`` takes the words of the command line, ``words.py`` speaks to people,
``data.py`` to programs and spreadsheets, ``pictures.py`` draws."""
