"""A play as a scene: plain data first, then meshes and pictures."""
