"""Pages and sheets for people: lesson, handout, report, large print, moving pictures."""
