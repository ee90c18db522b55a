"""Who is where since when: stays, whom they bring together, and how they are put right."""
