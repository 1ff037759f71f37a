"""What all drawing shares: colours, letters, files, memory."""
