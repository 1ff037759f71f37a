"""Where knitting and mechanics meet: mesh, stiffness, load cases, coming to rest, measures."""
