"""The pages, one per step: who uses the water, the house, the choices, why, what happens next."""
