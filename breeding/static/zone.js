// The time zone of this device, proposed where a program is set up; what is typed instead counts.
"use strict";
{
  const field = document.querySelector("[name=time_zone]");
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (field && here) field.value = here;
}
