"""From yarn to pixels: cameras, rays, light, paint."""
