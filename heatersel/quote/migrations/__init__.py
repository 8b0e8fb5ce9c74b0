"""The steps from one schema of the register to the next; a register is never taken back."""
