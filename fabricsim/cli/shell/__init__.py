"""What every command does in the same way: options, answers, pages, files written, progress."""
