new | $program check - --factory harbour
