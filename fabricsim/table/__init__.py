"""The worktable: a page on the user's own machine, on which a fabric is designed and answers at once.

    cli/commands/table  starts it          table/page  is what the browser shows
                   |                                |
    table/serving: the process, its guard, its pages ----- messages, both ways -----+
         |                |                |
    drafts: the scene   solving: the fabric   jobs: all other commands, in processes of their own
    and its history     that lies there

The rooms in the order in which they build on one another: ``messages``, what page and server say to each other;
``drafts``, a scene while it is made; ``solving``, from there to what is seen and said; ``jobs``, the commands;
``serving``. ``page`` holds no Python. Numbers and sentences are those of the commands: ``cli`` hands the table what
tells them, since nobody here may import it.
"""
