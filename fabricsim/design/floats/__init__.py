"""Every float and every yarn carried up, and what they are in the hand and on paper."""
