module coldbatch

go 1.26
