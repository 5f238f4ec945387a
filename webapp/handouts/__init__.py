"""What viewers and the camera take away from a plan: printed sheets and files."""
