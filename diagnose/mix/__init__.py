"""The arithmetic of waters alone: blending, changing, thinning, dosing, free ammonia."""
