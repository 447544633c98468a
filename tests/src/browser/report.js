// What the page of a report does when it is used. Gives a list of complaints.
const complaints = [];
return complaints;
