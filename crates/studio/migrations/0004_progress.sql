-- Progress reads figures from the index alone: the rows lie far apart, between reports and curves.
create index measure_figures on measure (take, skill, zone, value, sigma);
