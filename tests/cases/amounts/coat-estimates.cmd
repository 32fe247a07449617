# What can be estimated of a coat, and how weak each model is.
bodkin estimate --words "coat in wool coating, overhang 30 mm, viscose twill lining, medium nonwoven fusible" | sed '/^Where it comes from/,$d'
