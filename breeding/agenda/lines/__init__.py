"""The lines of the day by what they are about; each module yields those of one room's facts."""
