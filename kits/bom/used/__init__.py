"""Which kits use which parts, themselves or within others, whatever the car."""
